"""Effort, strain and exposure."""
