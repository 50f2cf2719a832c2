// Package study holds fastness tables from published papers, as printed, so that
// a dyer can look up what others found before making a trial.
//
// A table in a paper was made with other water, other plants and another pot, and
// often on another cloth. So a figure from it is something to expect, and never a
// lot's grade: there is no way from here into a judgement. What the paper prints
// is kept as it is printed; beside it stands what it means in the house's words,
// where it can be told: CuSO4 is copper sulfate, "jute/wool" is jute and wool, 2.5
// is the half grade 2-3. What fits no such word stays as printed.
//
// Papers leave the crystal water out of a formula, so mordants are compared
// without it: a search for copperas, FeSO4·7H2O, finds rows that say FeSO4.
//
// Each study carries its citation, its licence and what is wrong with it: columns
// whose order could not be seen, a mordant that was inferred, a row that
// contradicts itself.
//
// One worked number. Nayak's jute and wool cloth, unmordanted, printed with guar
// gum (sample UJW1), was graded 4 for light; with copper sulfate (UJW3) 6-7.
//
// The tables and their licence are in the folder published.
package study
