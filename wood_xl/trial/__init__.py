"""A first trial: who tries what, on which day, in which order, and what that will tell."""
