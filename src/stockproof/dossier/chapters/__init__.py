"""What each room found, turned into sections: one file a room, each reading that room's results only."""
