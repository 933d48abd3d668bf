"""The Qt-free core of Hingeline."""

__version__ = "0.1.0"
