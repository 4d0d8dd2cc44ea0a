"""What people touch on a photo, drawn by the browser."""
