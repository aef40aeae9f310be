"""What sessions took: time, methods, comparisons, oddities."""
