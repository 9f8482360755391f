# Cost of air against the change interval, and deep filters against shallow ones: the example change_interval. Run from the
# project's root:
#   gnuplot docs/images/change_interval.gp
set terminal svg size 720,760 font "sans-serif,13" background "white"
set output "docs/images/change_interval.svg"
data = "examples/expected/change_interval.txt"
stats data index 2 every ::1::1 using 1:2 name "flow" nooutput
stats data index 2 every ::2::2 using 1:2 name "age" nooutput
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set title "Where the cost of the next air meets the average cost (invented)"
set xlabel "running hours between changes"
set ylabel "cost of 1000 m3 of air, currency units"
set xrange [400:4000]
set yrange [0.04:0.105]
set key top left reverse Left samplen 2
set arrow 1 from flow_min_x,0.04 to flow_min_x,0.0545 nohead dt 2 lc rgb "#555555"
set arrow 2 from age_min_x,0.04 to age_min_x,0.056 nohead dt 2 lc rgb "#555555"
set label 1 "limits at fixed speed:" at 2420,0.0445 right tc rgb "#555555"
set label 2 "airflow" at flow_min_x+40,0.0445 tc rgb "#555555"
set label 3 "age" at age_min_x+40,0.0445 tc rgb "#555555"
plot data index 1 using 1:2 with lines lc rgb "#0072B2" lw 3 title "average, fixed speed", \
     data index 1 using 1:3 with lines lc rgb "#0072B2" lw 1 dt 3 title "running cost, fixed speed", \
     data index 3 using 1:2 with lines lc rgb "#D55E00" lw 3 dt 2 title "average, holding airflow", \
     data index 3 using 1:3 with lines lc rgb "#D55E00" lw 1 dt 3 title "running cost, holding airflow", \
     data index 2 every ::0::0 using 1:2 with points lc rgb "#0072B2" pt 7 ps 1 notitle, \
     data index 4 every ::0::0 using 1:2 with points lc rgb "#D55E00" pt 7 ps 1 notitle
unset arrow
unset label
set title "Paid so far: deep filters less shallow ones, fixed speed (invented)"
set xlabel "years"
set ylabel "currency units"
set xrange [0:4]
set yrange [-150:100]
set xzeroaxis lt 1 lc rgb "#000000"
set label 1 "above zero: deep filters have cost more so far" at 3.95,85 right tc rgb "#009E73"
plot data index 5 using 1:($3-$2) with lines lc rgb "#009E73" lw 3 notitle
unset multiplot
