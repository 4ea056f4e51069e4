"""A few words to a browser by web push: RFC 8030 (delivery), RFC 8291 (encryption), RFC 8292 (who sends)."""
