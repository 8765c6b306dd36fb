"""Django looks for models here; they live with their sub-areas."""
