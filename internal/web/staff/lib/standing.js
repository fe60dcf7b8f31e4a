/** Leaves out what was struck. @template {{ struck_at: string | null }} T @param {T[]} rows */
export const standing = (rows) => rows.filter((r) => r.struck_at === null);
