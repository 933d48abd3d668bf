"""Instruments at work on the picture: what each proposes until a person accepts it."""
