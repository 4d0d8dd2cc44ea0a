"""What goes out of the program and comes into it, one format a file."""
