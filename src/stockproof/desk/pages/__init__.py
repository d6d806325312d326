"""The pages of the desk, one module a page; each has `register`, which makes its routes."""
