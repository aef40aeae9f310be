"""From raw cells to checked season records."""
