"""Charts of stored readings and curves: SVG for page and sheet, a sentence that says what it shows, and its table."""
