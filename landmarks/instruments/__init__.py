"""Instruments on the picture: pixels in, proposals out.

Ruler, plane, edge and folds: each proposes what a person with callipers and patience would
find, says how sure it is, and refuses with a sentence where it cannot. A proposal counts only
once a person has accepted it. No instrument changes a picture.
"""
