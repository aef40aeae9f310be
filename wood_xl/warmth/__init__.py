"""Heat that the wood brings and what the winter needs."""
