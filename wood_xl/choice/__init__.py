"""Which combination of methods suits."""
