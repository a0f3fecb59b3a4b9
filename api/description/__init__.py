"""The interface as it is described: for programs (OpenAPI) and on a page of our own."""
