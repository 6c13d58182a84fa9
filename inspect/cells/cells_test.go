package cells

import "testing"

func TestText(t *testing.T) {
	for _, w := range []struct{ name, in, want string }{
		{"a name", "hand_L", "hand_L"},
		{"nothing", "", ""},
		{"a formula", "=1+1", "'=1+1"},
		{"plus", "+1", "'+1"},
		{"minus", "-x", "'-x"},
		{"at", "@SUM(A1)", "'@SUM(A1)"},
		{"tab", "\t=1", "'\t=1"},
		{"return", "\r=1", "'\r=1"},
		{"line feed", "\n=1", "'\n=1"},
		{"full-width equals", "＝1+1", "'＝1+1"},
		{"full-width plus", "＋1", "'＋1"},
		{"full-width minus", "－1", "'－1"},
		{"full-width at", "＠SUM(A1)", "'＠SUM(A1)"},
		{"small equals", "﹦1", "'﹦1"},
		{"behind a blank", " =1", "' =1"},
		{"behind a wide blank", "\u3000=1", "'\u3000=1"},
		{"behind what is not seen", "\u200b\ufeff=1", "'\u200b\ufeff=1"},
		{"a full-width name", "Ｈａｎｄ", "Ｈａｎｄ"},
		{"not UTF-8", "\xff=1", "\xff=1"},
		{"within", "a=1", "a=1"},
		{"an apostrophe already", "'=1", "'=1"},
	} {
		if got := Text(w.in); got != w.want {
			t.Errorf("%s: %q, want %q", w.name, got, w.want)
		}
	}
}
