"""What scripts ask, one subject a module, each with its ``router``; described at ``/openapi.json``."""
