"""What goes out of the house with a planned year: an examiner's work pack, a letter of notice."""
