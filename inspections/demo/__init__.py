"""The Larkspur, Tern Harbour: an invented house, so that every screen has something to show."""
