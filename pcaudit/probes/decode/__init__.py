"""Pure decoders of what firmware and kernels hand out."""
