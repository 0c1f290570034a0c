"""The stencil: pieces, and what holds them down."""
