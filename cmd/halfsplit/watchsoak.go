package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"halfsplit/internal/watch"
	"halfsplit/quantity"
)

// soak makes the soak that is watched; nil where none is asked for.
func (c *watchCommand) soak(ctx context.Context, to console, channels []watch.Channel, every time.Duration) (*watch.Soak, error) {
	if len(c.Failed)+len(c.Before) == 0 {
		if len(c.Passed)+len(c.Since)+len(c.After) > 0 || c.Channel != "" || c.Limit != "" || c.Temperature != "" {
			return nil, badInput{errors.New("a soak is watched when the failures before the repair are known; add --failed 30min, or --before FILE with a recording of them")}
		}
		return nil, nil
	}
	plan := watch.SoakPlan{Every: every}
	var err error
	if plan.Thermometer, err = c.liveThermometer(channels); err != nil {
		return nil, badInput{err}
	}
	if plan.Judged, err = c.liveJudged(channels, plan.Thermometer); err != nil {
		return nil, badInput{err}
	}
	// Recordings are read alike, as far as the flags do not say otherwise.
	if plan.Thermometer >= 0 {
		c.thermometer = channels[plan.Thermometer].Name
	}
	if len(plan.Judged) == 1 {
		judged := &channels[plan.Judged[0]]
		if c.Channel == "" {
			c.Channel = judged.Name
		}
		if judged.Limit != nil {
			c.limit = &quantity.Interval{Low: judged.Limit.Low, High: judged.Limit.High, Unit: judged.Unit}
		}
	}
	if plan.History, plan.Since, _, plan.Given, err = c.gather(ctx, to); err != nil {
		return nil, err
	}
	proof, err := watch.NewSoak(plan, channels)
	if err != nil {
		return nil, badInput{err}
	}
	return proof, nil
}

// liveThermometer is the place of the meter that is the temperature, −1 where
// there is none: the one named, or the only one that reads a temperature.
func (c *watchCommand) liveThermometer(channels []watch.Channel) (int, error) {
	found := -1
	for i := range channels {
		if channels[i].Unit != quantity.Celsius || c.Temperature != "" && channels[i].Name != c.Temperature {
			continue
		}
		if found >= 0 {
			return 0, fmt.Errorf("%s and %s both read a temperature; choose one with --temperature", channels[found].Name, channels[i].Name)
		}
		found = i
	}
	if found < 0 && c.Temperature != "" {
		return 0, fmt.Errorf("--temperature: no meter that is called %q reads a temperature; name one, as in \"%s=ADDRESS measure=temperature\"", c.Temperature, c.Temperature)
	}
	return found, nil
}

// liveJudged are the places of the meters that show whether the unit works: the
// one named, or all that have limits, the thermometer apart.
func (c *watchCommand) liveJudged(channels []watch.Channel, thermometer int) ([]int, error) {
	var judged []int
	for i := range channels {
		if c.Channel == channels[i].Name || c.Channel == "" && channels[i].Limit != nil && i != thermometer {
			judged = append(judged, i)
		}
	}
	if len(judged) == 0 && c.Channel != "" {
		return nil, fmt.Errorf("--channel: no meter is called %q; name the one that shows whether the unit works", c.Channel)
	}
	return judged, nil
}

// proven prints what a watched soak proves, as the soak command does.
func proven(to console, proof *watch.Soak) error {
	if f := proof.Failure; f != nil {
		fmt.Fprintln(to.out, capital(proof.Advice())+": "+proof.Failed()+".")
	}
	return soakText(to, proof.Assessment, proof.Prior(), seen{cold: proof.Cool(), doubtful: proof.DoubtfulSpells()})
}
