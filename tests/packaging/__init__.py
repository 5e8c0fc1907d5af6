"""What people install and carry to other PCs: wheel, sdist, single file, and gathering with Ansible."""
