"""What leaves the program: annotated pictures, tables and archives."""
