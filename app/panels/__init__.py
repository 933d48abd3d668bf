"""The panels around the picture: each takes the session and shows a part of it."""
