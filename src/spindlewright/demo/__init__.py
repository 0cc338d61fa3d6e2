"""The demonstration shop: three decks of the listening room of an invented town library."""
