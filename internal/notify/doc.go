// Package notify hands messages to the outside: letters to a mail server over
// SMTP, calls to webhooks over HTTPS. It decides nothing of what is sent or
// when; it says what became of each try, in words that hold no address and
// nothing of the message, since such words are stored and logged.
package notify
