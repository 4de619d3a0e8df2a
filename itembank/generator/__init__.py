"""Values to items: the space of assignments, the draw, the item. The search works on exact whole numbers only."""
