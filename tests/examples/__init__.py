"""Development tools that write the worked example."""
