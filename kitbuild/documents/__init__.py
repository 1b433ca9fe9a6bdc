"""All computed records -> documents: lists of blocks, pages of charts in whole holes, and listings."""
