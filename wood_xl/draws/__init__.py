"""What is unsure: what a unit of wood takes, by one model of the sessions, and arrays for all that follows."""
