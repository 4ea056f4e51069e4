"""The register as a file: read, compared with what the house has, and written back. Pure."""
