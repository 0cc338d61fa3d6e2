"""What goes out on paper: service sheet, the owner's page, the printed job card. Each is a tagged PDF."""
