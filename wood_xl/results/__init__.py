"""From figures to the results document."""
