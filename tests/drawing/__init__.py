"""The generator of our line drawings: `python -m tests.drawing` writes them anew."""
