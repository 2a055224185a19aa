"""What this room does when something happened below it."""
