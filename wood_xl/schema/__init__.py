"""The schema files and the model that reads them."""
