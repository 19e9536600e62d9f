interface SelectProps<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly options: readonly (readonly [T, string])[];
  readonly className?: string;
  readonly onPick: (value: T) => void;
}

/** One of a few, with its name before it. */
export function Select<T extends string>({ label, value, options, className, onPick }: SelectProps<T>) {
  return (
    <label className={className}>
      <span>{label}</span>
      <select value={value} onChange={({ currentTarget }) => onPick(currentTarget.value as T)}>
        {options.map(([id, words]) => (
          <option key={id} value={id}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}
