"""What people touch: the desktop window and the command line."""
