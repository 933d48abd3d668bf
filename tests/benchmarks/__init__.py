"""Figures of speed and memory, each against a bare floor in the same run."""
