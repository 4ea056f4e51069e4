"""Many single changes to one bundle, and which tool of a stranger catches which."""
