"""From observations to candidates."""
