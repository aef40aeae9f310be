"""What is advised for each task and for the whole job, and why."""
