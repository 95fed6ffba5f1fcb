"""What this app does when the school app says something happened."""
