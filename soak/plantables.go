package soak

import "math"

// SequentialPlans returns the standard truncated sequential plans. Their times
// are multiples of the lower mean time between failures: bring one to units of
// time with Scaled. They are adjusted by hand and do not follow from SPRT.
//
// Source: MIL-HDBK-781A, Reliability Test Methods, Plans, and Environments for
// Engineering, Development, Qualification, and Production (1996), sequential
// test plans I-D to VIII-D, from one public transcription. Three entries are in
// doubt: plan I-D, 21 failures, rejects 0.08 off the line of its neighbours;
// plan I-D, 38 failures, rejects at 29.26 in the transcription, taken as 39.26;
// plan II-D, 12 failures, accepts 0.05 off the line.
func SequentialPlans() []SequentialPlan {
	never := math.Inf(1)
	return []SequentialPlan{
		{Name: "I-D", Ratio: 1.5, Rows: []SequentialRow{
			{0, 6.95}, {0, 8.17}, {0, 9.38}, {0, 10.6}, {0, 11.8},
			{0, 13.03}, {0.34, 14.25}, {1.56, 15.46}, {2.78, 16.69}, {3.99, 17.9},
			{5.2, 19.11}, {6.42, 20.33}, {7.64, 21.54}, {8.86, 22.76}, {10.07, 23.98},
			{11.29, 25.19}, {12.5, 26.41}, {13.72, 27.62}, {14.94, 28.84}, {16.15, 30.06},
			{17.37, 31.27}, {18.5, 32.49}, {19.8, 33.7}, {21.02, 34.92}, {22.23, 36.13},
			{23.45, 37.35}, {24.66, 38.57}, {25.88, 39.78}, {27.07, 41.0}, {28.31, 42.22},
			{29.53, 43.43}, {30.74, 44.65}, {31.96, 45.86}, {33.18, 47.08}, {34.39, 48.3},
			{35.61, 49.5}, {36.82, 49.5}, {38.04, 49.5}, {39.26, 49.5}, {40.47, 49.5},
			{41.69, 49.5}, {49.5, never},
		}},
		{Name: "II-D", Ratio: 1.5, Rows: []SequentialRow{
			{0, 4.19}, {0, 5.4}, {0, 6.62}, {0.24, 7.83}, {1.46, 9.05},
			{2.67, 10.26}, {3.9, 11.49}, {5.12, 12.71}, {6.33, 13.92}, {7.55, 15.14},
			{8.76, 16.35}, {9.98, 17.57}, {11.19, 18.73}, {12.41, 19.99}, {13.62, 21.21},
			{14.84, 21.9}, {16.05, 21.9}, {17.28, 21.9}, {18.5, 21.9}, {21.9, never},
		}},
		{Name: "III-D", Ratio: 2, Rows: []SequentialRow{
			{0, 4.4}, {0, 5.79}, {0, 7.18}, {0.7, 8.56}, {2.08, 9.94},
			{3.48, 11.34}, {4.86, 12.72}, {6.24, 14.1}, {7.63, 15.49}, {9.02, 16.88},
			{10.4, 18.26}, {11.79, 19.65}, {13.18, 20.6}, {14.56, 20.6}, {15.94, 20.6},
			{17.34, 20.6}, {20.6, never},
		}},
		{Name: "IV-D", Ratio: 2, Rows: []SequentialRow{
			{0, 2.8}, {0, 4.18}, {0.7, 5.58}, {2.08, 6.96}, {3.46, 8.34},
			{4.86, 9.74}, {6.24, 9.74}, {7.62, 9.74}, {9.74, never},
		}},
		{Name: "V-D", Ratio: 3, Rows: []SequentialRow{
			{0, 3.75}, {0, 5.4}, {0.57, 7.05}, {2.22, 8.7}, {3.87, 10.35},
			{5.52, 10.35}, {7.17, 10.35}, {10.35, never},
		}},
		{Name: "VI-D", Ratio: 3, Rows: []SequentialRow{
			{0, 2.67}, {0, 4.32}, {0.36, 4.5}, {4.5, never},
		}},
		{Name: "VII-D", Ratio: 1.5, Rows: []SequentialRow{
			{0, 3.15}, {0, 4.37}, {0, 5.58}, {1.22, 6.8}, {2.43, 6.8},
			{3.65, 6.8}, {6.8, never},
		}},
		{Name: "VIII-D", Ratio: 2, Rows: []SequentialRow{
			{0, 1.72}, {0, 3.1}, {0, 4.5}, {4.5, never},
		}},
	}
}
