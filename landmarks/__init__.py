"""The Qt-free core of Hingeline."""
