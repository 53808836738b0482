"""From files to a folder that readers see: wholly the old site or wholly the new one."""
