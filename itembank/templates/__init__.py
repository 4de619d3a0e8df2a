"""Reading what authors write: templates, slip files and bank files, with every word's place kept."""
