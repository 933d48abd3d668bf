"""The look: colours, sizes, fonts, icons, drawings and small painted widgets."""
