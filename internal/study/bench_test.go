package study

import "testing"

func BenchmarkParse(b *testing.B) {
	for _, file := range []string{"testdata/study/names.yaml", "studies/celeriac-custard.yaml"} {
		src := []byte(read(b, "../../"+file))
		b.Run(file, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if s, problems := Parse("", src); s == nil {
					b.Fatal(problems)
				}
			}
		})
	}
}

func BenchmarkIn(b *testing.B) {
	s, _ := Parse("", []byte(read(b, "../../studies/celeriac-custard.yaml")))
	b.ReportAllocs()
	for b.Loop() {
		s.In(s.Language("", "fr-FR,fr;q=0.9,en;q=0.8"))
	}
}

func BenchmarkNameRemarks(b *testing.B) {
	s, _ := Parse("", []byte(read(b, "../../studies/celeriac-custard.yaml")))
	b.ReportAllocs()
	for b.Loop() {
		NameRemarks(s)
	}
}

func BenchmarkHash(b *testing.B) {
	s, _ := Parse("", []byte(read(b, "../../studies/celeriac-custard.yaml")))
	b.ReportAllocs()
	for b.Loop() {
		Hash(s)
	}
}
