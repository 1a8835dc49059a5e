"""Problems of the open benchmark literature, planned by the same core as a yard."""
