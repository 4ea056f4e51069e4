"""How an evidence bundle is packed: pure, streaming, checkable with tools every system has."""
