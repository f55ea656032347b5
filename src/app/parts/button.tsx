import type { ReactNode } from 'react'
import { Button as AriaButton, type ButtonProps as AriaProps } from 'react-aria-components/Button'
import { classes } from './classes.ts'
import './button.css'

export type ButtonLook = {
  /** `primary` is the one next thing to do; `halt` stops something; `quiet` is a word without a frame. */
  readonly tone?: 'plain' | 'primary' | 'halt' | 'quiet'
  /** 56 px high, for what is pressed with gloves on. */
  readonly gloved?: boolean
  /** As wide as what it stands in. */
  readonly wide?: boolean
  /** Of a quiet one: which side of its word stands on the edge of what it is in, as text would. */
  readonly flush?: 'start' | 'end'
}

export type ButtonProps = ButtonLook &
  Omit<AriaProps, 'children' | 'className' | 'style'> & { readonly children: ReactNode }

/** The class names of a button, for a link that has to look like one. */
export function buttonClass({
  tone = 'plain',
  gloved = false,
  wide = false,
  flush,
}: ButtonLook = {}): string {
  return classes(
    'button',
    `button-${tone}`,
    gloved && 'button-gloved',
    wide && 'button-wide',
    flush && `button-flush-${flush}`,
  )
}

/** A button. `isPending` keeps it focusable while its work goes on and tells screen readers so. */
export function Button({ tone, gloved, wide, flush, children, ...rest }: ButtonProps) {
  const look = {
    ...(tone && { tone }),
    ...(gloved && { gloved }),
    ...(wide && { wide }),
    ...(flush && { flush }),
  }
  return (
    <AriaButton {...rest} className={buttonClass(look)}>
      {children}
    </AriaButton>
  )
}
