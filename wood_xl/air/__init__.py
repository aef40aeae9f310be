"""Energy and emissions."""
