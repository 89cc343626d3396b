// Package sorting sorts lists as package slices does, with one copy of the
// sorting in the program: slices.SortFunc compiles another for every type of
// element, about 10 kB each, of which the saved copy of the page would carry
// twenty. Lists that are sorted in the innermost loops keep slices.SortFunc,
// which is up to twice as fast.
package sorting

import "sort"

type list[T any] struct {
	elements []T
	compare  func(a, b T) int
}

func (l *list[T]) Len() int           { return len(l.elements) }
func (l *list[T]) Less(i, j int) bool { return l.compare(l.elements[i], l.elements[j]) < 0 }
func (l *list[T]) Swap(i, j int) {
	l.elements[i], l.elements[j] = l.elements[j], l.elements[i]
}

// By is slices.SortFunc: the same list gives the same order on every machine,
// equal elements in any.
func By[T any](elements []T, compare func(a, b T) int) { sort.Sort(&list[T]{elements, compare}) }

// Stable is slices.SortStableFunc.
func Stable[T any](elements []T, compare func(a, b T) int) {
	sort.Stable(&list[T]{elements, compare})
}
