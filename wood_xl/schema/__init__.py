"""The two definition documents and the model that reads them."""
