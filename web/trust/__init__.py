"""What answers at the plain port under HTTPS. Apart from the pages: it runs where none of them is."""
