"""A booking calendar as a file: read, expanded, recognised, compared with what is held. Pure."""
