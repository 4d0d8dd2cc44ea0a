"""The screens, one file each: Streamlit runs the file that the address names."""
