"""Published figures as data, each with its source and how it is known."""
