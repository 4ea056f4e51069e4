"""How a report is made: its content, its page, its PDF, its seal. Nothing here touches the database."""
