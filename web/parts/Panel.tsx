/** A dialog on the sheet: opened by its button, closed by Escape, its cross or a press beside it. */
import { type ReactNode, useEffect, useId, useRef } from 'react';

interface PanelProps {
  readonly title: string;
  readonly open: boolean;
  readonly close: () => void;
  readonly children: ReactNode;
}

export const Panel = ({ title, open, close, children }: PanelProps) => {
  const dialog = useRef<HTMLDialogElement>(null);
  const heading = useId();
  useEffect(() => {
    const element = dialog.current;
    if (!element) return;
    if (open && !element.open) element.showModal();
    if (!open && element.open) element.close();
  }, [open]);
  return (
    <dialog
      ref={dialog}
      className="panel"
      aria-labelledby={heading}
      onClose={close}
      onPointerDown={(event) => {
        if (event.target === dialog.current) close();
      }}
    >
      {open && (
        <div className="panel-in">
          <header>
            <h2 id={heading}>{title}</h2>
            <button type="button" className="btn flat" onClick={close}>
              Close
            </button>
          </header>
          {children}
        </div>
      )}
    </dialog>
  );
};
