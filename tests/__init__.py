"""The tests of Hingeline; run by `python3 start.py test`."""
