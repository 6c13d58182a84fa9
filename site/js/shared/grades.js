// Grades in words.

export const GRADE = { stop: 'Stop', flaw: 'Flaw', note: 'Note' };
export const GRADE_SAYS = { stop: 'will fail', flaw: 'will show', note: 'worth knowing' };
