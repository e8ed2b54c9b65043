"""Where the block's holes are: from distances read on the engine, and from photographs."""
