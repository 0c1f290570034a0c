"""The cabinet: carcases, panels, faces and hardware, from its definition."""
