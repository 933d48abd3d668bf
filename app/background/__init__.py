"""Work off the screen thread: pictures decoded, the store written, answers brought back."""
