"""What the services give back: frozen dataclasses, by meaning."""
