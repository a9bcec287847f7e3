/** `value` held between `low` and `high` [same unit]. Definition. */
export const clamp = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);
