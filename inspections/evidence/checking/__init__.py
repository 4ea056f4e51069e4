"""What holds of a bundle or a report that somebody hands in, point by point. Pure of the database."""
