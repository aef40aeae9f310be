"""What is sawn and stacked: areas, volumes, moisture and log sizes."""
