// Package demo fills empty records with the bench of an invented workshop, the
// Saltmarsh Sound Archive: four machines with their jobs, the rest of the
// collection, the parts drawer and the meters. It is made of the files in folder
// examples, taken in as a user would.
package demo
