"""A first trial of methods: who tries what, when and in which order, and what it will show."""
