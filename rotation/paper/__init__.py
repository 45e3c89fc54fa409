"""What is printed: HTML pages that need nothing else, and how a browser makes PDFs of them."""
