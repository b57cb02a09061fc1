"""What people type on this app's pages, parsed and checked, by subject."""
