"""The house in section, drawn from its tree of places: what stands where, and in which state. Pure."""
