"""Tables and rules of slings in United States law and practice."""
