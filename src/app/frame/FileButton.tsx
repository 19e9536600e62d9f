import { type ReactNode, useRef } from 'react';

interface FileButtonProps {
  /** What the hidden field is called by those who can't see the button. */
  readonly label: string;
  /** Endings, such as `.csv,.tsv`. */
  readonly accept: string;
  readonly multiple?: boolean;
  readonly disabled?: boolean;
  readonly main?: boolean;
  readonly title?: string;
  readonly onFiles: (files: readonly File[]) => void;
  readonly children: ReactNode;
}

/** A button that chooses files from disk. The same file may be chosen twice running. */
export function FileButton({
  label,
  accept,
  multiple,
  disabled,
  main,
  title,
  onFiles,
  children,
}: FileButtonProps) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <button
        type="button"
        className={main ? 'button button-main' : 'button'}
        title={title}
        disabled={disabled}
        onClick={() => input.current?.click()}
      >
        {children}
      </button>
      <input
        ref={input}
        type="file"
        hidden
        multiple={multiple}
        aria-label={label}
        accept={accept}
        onChange={({ currentTarget }) => {
          const files = [...(currentTarget.files ?? [])];
          currentTarget.value = '';
          if (files.length > 0) onFiles(files);
        }}
      />
    </>
  );
}
