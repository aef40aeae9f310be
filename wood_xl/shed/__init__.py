"""The woodshed: what stands, whether it will be dry, how long it lasts, and what has to be made by when."""
