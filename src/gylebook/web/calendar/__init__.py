"""What is due, for calendars that follow the book."""
