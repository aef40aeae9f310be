"""What tools and work cost."""
