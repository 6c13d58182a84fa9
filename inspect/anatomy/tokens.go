package anatomy

// Tokens takes a name apart into lower-case words and numbers, as roles are read
// from them: the namespace goes, then it is cut at separators, at a lower letter
// before an upper one, and between letters and digits.
func Tokens(name string) []string { return tokens(name) }
