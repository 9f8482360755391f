# A life by the hours of a year: the example filter_life. Run from the project's root:
#   gnuplot docs/images/filter_life_year.gp
set terminal svg size 720,720 font "sans-serif,13" background "white"
set output "docs/images/filter_life_year.svg"
data = "examples/expected/filter_life.txt"
set lmargin 9
set rmargin 9
set xrange [0:360]
set xtics 0,30,360
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set title "A life by the hours of a year, closed in August (invented)"
set ylabel "pressure drop, Pa"
set yrange [0:180]
set y2label "airflow, m3/s"
set y2range [0.9:1.35]
set y2tics 0.9,0.1,1.3
set ytics nomirror
set key bottom right samplen 2
plot data index 4 using 1:3 with lines lc rgb "#0072B2" lw 2 title "stage 1", \
     data index 4 using 1:4 with lines lc rgb "#56B4E9" lw 2 title "stage 2", \
     data index 4 using 1:2 axes x1y2 with lines lc rgb "#D55E00" lw 2 dt 2 title "airflow (right)"
unset y2label
unset y2tics
set ytics mirror
set title "How long the fan ran"
set xlabel "days since the change, on 1 January"
set ylabel "running hours so far"
set yrange [0:3000]
set key top left reverse Left
plot data index 4 using 1:5 with lines lc rgb "#0072B2" lw 2 title "by the table of hours", \
     2877.5/365*x with lines lc rgb "#999999" lw 1 dt 2 title "spread evenly over the year"
unset multiplot
